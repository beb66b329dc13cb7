from django.forms.renderers import TemplatesSetting


class HouseRenderer(TemplatesSetting):
    """Every form field of the house is drawn by one template."""

    field_template_name = "field.html"
