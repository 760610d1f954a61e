"""The window. The only room of the house that knows Qt."""
