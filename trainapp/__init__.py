"""Designs and checks water treatment trains that end in ultraviolet disinfection."""

__version__ = "0.1.0"
