"""How every form of the site is laid out: one helper for the template pack `sheet`."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, LayoutObject


class SheetHelper(FormHelper):  # type: ignore[misc]  # crispy-forms ships no types
    """A form helper that draws fields only; the page writes the form element, its button and its summary.

    Without a layout every field is drawn in its order. `question_field` names the field whose label or legend
    is the page's `h1`, for pages that ask one question. `one_of_these` names fields that are not called
    optional although the form takes them empty: some line has to be filled in, whichever.
    """

    form_tag = False
    include_media = False
    template_pack = "sheet"
    render_hidden_fields = True

    def __init__(self, *layout: str | LayoutObject, question_field: str = "") -> None:
        super().__init__()
        self.question_field = question_field
        self.one_of_these: tuple[str, ...] = ()
        self.layout = Layout(*layout) if layout else None
