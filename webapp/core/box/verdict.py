"""What is made of one field of a box."""

from collections import namedtuple

AGREES, DIFFERS, CANNOT_TELL = "agrees", "differs", "cannot_tell"

# outcome: one of the three; why: a stable code, empty where it agrees; text: one sentence.
Verdict = namedtuple("Verdict", ("outcome", "why", "text"))
