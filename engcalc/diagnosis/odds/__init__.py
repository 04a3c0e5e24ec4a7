"""From likelihoods to odds: draws, what they are worth, what each piece weighs."""
