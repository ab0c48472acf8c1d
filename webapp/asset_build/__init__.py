"""Turns static/ and the core into webapp/built/. Standard library and Node; imports no other part.

node -> the build's Node and its packages; bundle -> one file each; precache -> what a phone keeps;
budget -> how heavy that may be; build -> the order of it all.
"""
