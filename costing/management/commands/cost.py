from costing.commands.cost import Command

__all__ = ["Command"]
