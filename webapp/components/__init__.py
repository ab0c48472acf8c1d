"""What Lampside is made of: its Python packages and the browser's, as one list in CycloneDX."""
