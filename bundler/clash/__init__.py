"""Choices without any plan go in; what clashes, who may move it, and how far it is come out."""

from bundler.clash.words import told

__all__ = ["told"]
