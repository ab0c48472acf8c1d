"""Where records and accounts live; the only package that knows the database.

The journal is append-only. Everything else here is either an account (people, keys, sessions) or
a projection that can be dropped and computed again from the journal. Nothing here calculates.
SQL stays portable: no JSON paths, no ``INSERT OR``, whole numbers and text in typed columns.
"""
