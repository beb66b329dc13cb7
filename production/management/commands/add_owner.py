from production.workshop.commands.add_owner import Command

__all__ = ["Command"]
