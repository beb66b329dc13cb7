from costing.commands.remake_values import Command

__all__ = ["Command"]
