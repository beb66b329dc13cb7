"""Paths of channels, prices, price lists, and the cost of an item over its lots."""

from django.urls import path

from costing.views import channels, item_costs, price_ideas, price_lists, prices

urlpatterns = [
    path("channels/", channels.channels, name="channels"),
    path("channels/add/", channels.channel_add, name="channel-add"),
    path("channels/<int:pk>/", channels.channel, name="channel"),
    path("channels/<int:pk>/change/", channels.channel_change, name="channel-change"),
    path("prices/", prices.prices, name="prices"),
    path("prices/ideas/<int:pk>/", price_ideas.price_idea, name="price-idea"),
    path("prices/typed/", prices.price_typed, name="price-typed"),
    path("prices/shift/", prices.price_shift, name="price-shift"),
    path("prices/target/", prices.price_target, name="price-target-all"),
    path("prices/list/", price_lists.price_list, name="price-list"),
    path("prices/list/prices.pdf", price_lists.price_list_pdf, name="price-list-pdf"),
    path("prices/<int:pk>/", prices.price, name="price"),
    path("prices/<int:pk>/set/", prices.price_set, name="price-set"),
    path("prices/<int:pk>/target/", prices.price_target, name="price-target"),
    path("items/<int:pk>/costs/", item_costs.item_costs, name="item-costs"),
]
