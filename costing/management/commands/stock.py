from costing.commands.stock import Command

__all__ = ["Command"]
