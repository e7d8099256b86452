"""What a recipe repository starts with: configuration, hook, checks in CI, an editor's settings."""
