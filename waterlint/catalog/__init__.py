"""What is known before a recipe is read: additives, malts, styles, waters and limits."""
