from costing.commands.books import Command

__all__ = ["Command"]
