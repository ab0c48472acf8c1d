"""The base desk's pages and its order sheet: a view parses, calls one flow function, renders.

Nothing here calculates an optical or clinical value and nothing here touches the database.
"""
