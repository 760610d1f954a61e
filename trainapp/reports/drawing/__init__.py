"""The bench as a drawing: a display list of shapes, texts and hit areas, and what renders it. Nothing here knows a screen."""
