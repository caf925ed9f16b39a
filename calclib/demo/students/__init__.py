"""Students played by a program: they read a problem's text, work in decimals, err as people err, and type."""
