"""Recipes, their limits and rules of thumb, and the engine that works one out."""
