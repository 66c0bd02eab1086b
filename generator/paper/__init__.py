"""PDF pages for every output that is printed: exact lines in millimetres, and running text."""
