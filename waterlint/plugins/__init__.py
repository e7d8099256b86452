"""Rules of other packages: where their code may come from, and what they may hand back."""
