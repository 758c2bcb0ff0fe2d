"""Run the command line with python -m bundler."""

from bundler.cli import main

main()
