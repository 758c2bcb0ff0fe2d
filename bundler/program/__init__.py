"""Choices in; an integer program with its variables and rows by key out. One rule, one file."""
