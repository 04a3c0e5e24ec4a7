"""A vehicle read live through its diagnostic socket: asked, recorded and judged while it warms up. No Qt."""
