"""From a cost to a price in three channels, a target, and the list on paper.

The bottle: soap 1.225, packaging 0.78, together 2.005.
"""

from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.costing.selling import bottled


def channel(walk, **facts):
    walk.open("/channels/add/")
    walk.fill(**facts)
    walk.press("Add the channel")


def test_a_bottle_is_priced_in_three_channels(walk):
    set_up_workshop(name="Harbour Soap", emergency="Ambulance: 911")
    make.item("labels")
    item = bottled("F-1").item
    bottled("F-2", soap="14.70")
    channel(walk, name="Stall", stall_fee="40", pieces_a_day="20", step="0.50")
    channel(walk, name="The Tin Lantern", consignment="35", step="1", ending="0.95")
    channel(walk, name="wholesale", kind="wholesale", step="0.05")
    walk.open("/prices/")
    walk.follow("Say what margin you want")
    walk.fill(margin="50")
    walk.press("Write the target")
    walk.follow("hand wash")
    # 2.25 of the last lot: over 0.5; with 2.00 more; over 0.15.
    walk.sees("4.50", "8.50", "15.95")
    walk.ask(fixed="300")
    walk.send("Work the prices out")
    walk.sees("Break-even", "134 pcs")
    walk.follow("set a price")
    walk.press("Set the price")
    walk.follow("Its cost over its lots")
    walk.sees("Why it changed", "Price of rapeseed oil", "0.2450")
    walk.open("/prices/shift/")
    walk.ask(item="bottle 250", change="80")
    walk.send("See what it does")
    walk.sees("would fall under target")
    walk.open("/prices/list/")
    walk.ask(of="Stall")
    walk.send("Show the list")
    walk.sees("hand wash", "8.50", "Print it (PDF)")
    walk.open(f"/items/{item.pk}/")
    walk.open("/channels/")
    walk.open("/prices/typed/")
    walk.ask(material="1.20", packaging="0.80", minutes="3")
    walk.send("Work the prices out")
    walk.sees("Who gets what of 100")
