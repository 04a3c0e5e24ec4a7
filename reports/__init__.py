"""Pages, figures, signing and verifying; no Qt."""
