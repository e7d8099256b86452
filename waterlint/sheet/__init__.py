"""The weighing sheet: a recipe as what is weighed into which vessel, in the order of its use."""
