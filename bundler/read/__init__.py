"""A folder with station.yaml and CSV tables in; a typed case, or every finding at once, out."""
