"""Parameters of a life in; its cumulative hazard and what follows from it out."""
