"""A station's folder goes in (station.yaml and CSV tables); a typed `Case` comes out.

What cannot be read is told all at once in a `DataError`; nothing is ever written.
"""
