"""The physics of each link: frozen dataclasses of floats or arrays, no files, no printing."""
