"""PostgreSQL as the store: its own tests, and a server of it for the tests of the other folders."""
