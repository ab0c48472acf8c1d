"""The command-line door's calculations: their fields, units and ranges."""
