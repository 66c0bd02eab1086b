"""Liberation Sans (SIL Open Font License 1.1), embedded in what is printed."""
