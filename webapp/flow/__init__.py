"""The steps of a case on the server, one file each; every page and every phone comes through here.

A step reads what it needs, asks the rules, and either does the whole thing or raises ``Refused``
and does nothing. No web code here: a step takes an ``Actor`` and plain values.
"""
