"""A typed case goes in; every error and every doubt about its meaning comes out as findings."""

from bundler.check.checks import CHECKS, check_case

__all__ = ["CHECKS", "check_case"]
