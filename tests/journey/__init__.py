"""Whole cases in a real browser through the real server, in the order of the flow.

Read from top to bottom this is the manual: each test does what a person does, by public pages.
"""
