from costing.commands.planned_cost import Command

__all__ = ["Command"]
