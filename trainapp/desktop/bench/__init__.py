"""The bench of the window: the laid-out drawing as items on a scene, and what pointer and keyboard do to it."""
