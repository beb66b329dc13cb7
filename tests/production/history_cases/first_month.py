"""A short past, as typed and as the tool writes it."""

# A short past: bought, cooked, diluted, filled, sold, one bottle back, one spill.
FIRST_MONTH = """\
{"format": "kettlebook-history", "version": 1, "currency": "USD", "events": [
 {"type": "purchase", "date": "2026-01-05", "number": "PO-1", "supplier": "Northmere Oils",
  "extra_costs": [{"kind": "freight", "amount": "12.40", "by": "weight"}],
  "lines": [
   {"lot": "R1", "item": "rapeseed oil", "kind": "material", "amount": "5000", "unit": "g",
    "price": "21.50", "tax": "0.00", "recoverable_tax": "0.00", "shipping_weight": "5300", "supplier_lot": "AB12"},
   {"lot": "R2", "item": "potassium hydroxide", "kind": "material", "amount": "1000", "unit": "g",
    "price": "9.80", "tax": "0.00", "recoverable_tax": "0.00", "shipping_weight": "1080", "supplier_lot": "K-77"},
   {"lot": "R3", "item": "water", "kind": "material", "amount": "20000", "unit": "g",
    "price": "4.00", "tax": "0.33", "recoverable_tax": "0.00", "shipping_weight": "20400", "supplier_lot": "W1"},
   {"lot": "R4", "item": "bottle 250", "kind": "packaging", "amount": "40", "unit": "piece",
    "price": "24.00", "tax": "0.00", "recoverable_tax": "4.80", "shipping_weight": "1200", "supplier_lot": "C-9"}]},
 {"type": "batch", "date": "2026-01-06", "code": "B-1", "stage": "cook",
  "uses": [{"lot": "R1", "amount": "3000"}, {"lot": "R2", "amount": "640"}, {"lot": "R3", "amount": "1400"}],
  "makes": {"lot": "P1", "item": "paste", "unit": "g", "amount": "4780"}, "expected": "4850",
  "work": [{"kind": "labour", "hours": "2.50", "rate": "18.50"}, {"kind": "overhead", "hours": "2.50", "rate": "3.20"}]},
 {"type": "batch", "date": "2026-01-20", "code": "B-2", "stage": "dilution",
  "uses": [{"lot": "P1", "amount": "2000"}, {"lot": "R3", "amount": "4000"}],
  "makes": {"lot": "D1", "item": "diluted soap", "unit": "g", "amount": "5940"}, "expected": null,
  "work": [{"kind": "labour", "hours": "0.50", "rate": "18.50"}]},
 {"type": "batch", "date": "2026-01-21", "code": "B-3", "stage": "filling",
  "uses": [{"lot": "D1", "amount": "5200"}, {"lot": "R4", "amount": "20"}],
  "makes": {"lot": "F1", "item": "hand wash 250 mL", "unit": "piece", "amount": "20", "net_mass": "257"},
  "expected": "20", "work": [{"kind": "labour", "hours": "0.75", "rate": "18.50"}]},
 {"type": "sale", "date": "2026-01-30", "number": "S-1", "channel": "Saturday stall", "customer": "C3",
  "lines": [{"lot": "F1", "amount": "4", "unit_price": "9.00"}]},
 {"type": "return", "date": "2026-02-02", "number": "RT-1", "sale": "S-1", "line": 1, "lot": "F1",
  "amount": "1", "then": "destroy"},
 {"type": "loss", "date": "2026-02-03", "lot": "P1", "amount": "80", "reason": "spill"}]}
"""  # noqa: E501

# The same as the tool writes it: one event a line, minimal figures, status always.
FIRST_MONTH_CANONICAL = """\
{"format": "kettlebook-history", "version": 1, "currency": "USD", "events": [
 {"type": "purchase", "date": "2026-01-05", "number": "PO-1", "supplier": "Northmere Oils", "extra_costs": [{"kind": "freight", "amount": "12.4", "by": "weight"}], "lines": [{"lot": "R1", "item": "rapeseed oil", "kind": "material", "amount": "5000", "unit": "g", "price": "21.5", "tax": "0", "recoverable_tax": "0", "shipping_weight": "5300", "supplier_lot": "AB12", "status": "released"}, {"lot": "R2", "item": "potassium hydroxide", "kind": "material", "amount": "1000", "unit": "g", "price": "9.8", "tax": "0", "recoverable_tax": "0", "shipping_weight": "1080", "supplier_lot": "K-77", "status": "released"}, {"lot": "R3", "item": "water", "kind": "material", "amount": "20000", "unit": "g", "price": "4", "tax": "0.33", "recoverable_tax": "0", "shipping_weight": "20400", "supplier_lot": "W1", "status": "released"}, {"lot": "R4", "item": "bottle 250", "kind": "packaging", "amount": "40", "unit": "piece", "price": "24", "tax": "0", "recoverable_tax": "4.8", "shipping_weight": "1200", "supplier_lot": "C-9", "status": "released"}]},
 {"type": "batch", "date": "2026-01-06", "code": "B-1", "stage": "cook", "uses": [{"lot": "R1", "amount": "3000"}, {"lot": "R2", "amount": "640"}, {"lot": "R3", "amount": "1400"}], "makes": {"lot": "P1", "item": "paste", "unit": "g", "amount": "4780", "status": "released"}, "expected": "4850", "work": [{"kind": "labour", "hours": "2.5", "rate": "18.5"}, {"kind": "overhead", "hours": "2.5", "rate": "3.2"}]},
 {"type": "batch", "date": "2026-01-20", "code": "B-2", "stage": "dilution", "uses": [{"lot": "P1", "amount": "2000"}, {"lot": "R3", "amount": "4000"}], "makes": {"lot": "D1", "item": "diluted soap", "unit": "g", "amount": "5940", "status": "released"}, "expected": null, "work": [{"kind": "labour", "hours": "0.5", "rate": "18.5"}]},
 {"type": "batch", "date": "2026-01-21", "code": "B-3", "stage": "filling", "uses": [{"lot": "D1", "amount": "5200"}, {"lot": "R4", "amount": "20"}], "makes": {"lot": "F1", "item": "hand wash 250 mL", "unit": "piece", "amount": "20", "net_mass": "257", "status": "released"}, "expected": "20", "work": [{"kind": "labour", "hours": "0.75", "rate": "18.5"}]},
 {"type": "sale", "date": "2026-01-30", "number": "S-1", "channel": "Saturday stall", "customer": "C3", "lines": [{"lot": "F1", "amount": "4", "unit_price": "9"}]},
 {"type": "return", "date": "2026-02-02", "number": "RT-1", "sale": "S-1", "line": 1, "lot": "F1", "amount": "1", "then": "destroy"},
 {"type": "loss", "date": "2026-02-03", "lot": "P1", "amount": "80", "reason": "spill"}]}
"""  # noqa: E501

# Worked out by hand: on hand, unit cost, value.
FIRST_MONTH_STOCK = {
    "R1": ("2000", "0.004770", "9.540000"),
    "R2": ("360", "0.010280", "3.700800"),
    "R3": ("14600", "0.000669", "9.760100"),
    "R4": ("20", "0.613250", "12.265000"),
    "P1": ("2700", "0.015686", "42.351087"),
    "D1": ("740", "0.007289", "5.393675"),
    "F1": ("16", "3.202075", "51.233200"),
}
