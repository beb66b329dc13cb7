from costing.commands.statement import Command

__all__ = ["Command"]
