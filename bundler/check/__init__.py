"""A typed case in; every error and doubt about its meaning out, as findings."""

from bundler.check.checks import CHECKS, check_case

__all__ = ["CHECKS", "check_case"]
