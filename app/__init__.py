"""Leadfall's screens, files and command line; the equations live in ``physics``."""
