"""A case goes in whose outages may start on several dates; the case at the best dates comes out.

Chosen is what station-wide outages lose: days on line, and days that lengthen a unit's outage.
"""
