"""Random histories of one eye's decisions, through the server's own steps and the core's own fold.

Phones hold outboxes, lose acknowledgements, send twice; surgeons answer apart from each other;
keys are revoked; records are forged. An oracle that shares no code with the fold reads the signed
payloads of the journal and says for each order that was placed whether it may exist.
"""
