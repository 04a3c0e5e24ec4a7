"""Many logs judged over all cores: found, judged once, ranked, written. No Qt."""
