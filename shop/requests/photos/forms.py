"""Forms that take a picture."""

from typing import Any
from uuid import uuid4

from django import forms

from shop.requests.drafts import RunDraft
from shop.requests.forms import AskForm

PICTURE = forms.FileInput({"accept": "image/*", "data-picture": ""})


class PhotoForm(forms.Form):
    """One picture of a run, with words and what was drawn over it."""

    picture = forms.FileField(label="Picture", widget=PICTURE, error_messages={"required": "Pick or take a picture."})
    words = forms.CharField(label="What it shows", max_length=200, required=False)
    strokes = forms.CharField(required=False, widget=forms.HiddenInput({"data-strokes": ""}))
    nonce = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **{"initial": {"nonce": uuid4().hex}, **more})


class SketchForm(AskForm):
    """A run asked for by a picture and words: the head of the builder without its rows."""

    photo = forms.FileField(
        label="Sketch or picture", widget=PICTURE, error_messages={"required": "It needs a picture."}
    )
    strokes = forms.CharField(required=False, widget=forms.HiddenInput({"data-strokes": ""}))
    note = forms.CharField(
        label="What is wanted", max_length=2000, widget=forms.Textarea({"rows": 4}),
        error_messages={"required": "Say what is wanted."},
    )  # fmt: skip

    def asked(self) -> RunDraft:
        said, (raceway, size) = self.cleaned_data, self.raceway_size
        document = {"format": "run/1", "tag": said["tag"], "raceway": raceway, "size": size}
        return RunDraft(
            place=said["place"], tag=said["tag"], document=document, quantity=said["quantity"], title=said["title"],
            note=said["note"], needed_at=said.get("needed_at"), drop=said["drop"], rush=said["rush"],
            rush_reason=said["rush_reason"], cost_code=said["cost_code"],
        )  # fmt: skip
