"""A case and a table of changes go in; a plan for each changed case comes out, with the base plan.

Every run is judged, kept on disk as soon as it is done, and taken over when a sweep starts again.
Runs share nothing but the base plan they start from, so they may be made in any order, by
processes of this machine or by workers elsewhere, and their tables are the same bytes.
"""
