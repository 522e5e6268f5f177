"""How is a choice among hundreds of jobs drawn without rendering a template for each?"""

from typing import Any

from django import forms
from django.forms.renderers import BaseRenderer
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString


class LongSelect(forms.Select):
    """Django's select with its options written at once; it draws the same element."""

    def render(
        self,
        name: str,
        value: Any,
        attrs: dict[str, Any] | None = None,
        renderer: BaseRenderer | None = None,
    ) -> SafeString:
        """Return the element."""
        del renderer
        widget = self.get_context(name, value, attrs)["widget"]
        options = format_html_join(
            "\n",
            '<option value="{}"{}>{}</option>',
            (
                (option["value"], flatatt(option["attrs"]), option["label"])
                for _group, listed, _at in widget["optgroups"]
                for option in listed
            ),
        )
        return format_html(
            '<select name="{}"{}>\n{}</select>', widget["name"], flatatt(widget["attrs"]), options
        )
