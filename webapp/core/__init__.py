"""The calculation core: pure, portable, and the same files on the server and in the browser.

Rule: a file here imports ``math``, ``collections.namedtuple`` and other files of this folder, and
nothing else. It keeps to the part of the language that CPython and MicroPython share.
"""
