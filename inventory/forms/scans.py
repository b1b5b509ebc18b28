"""One of many scans in a row, as the open page sends it, to plain values."""

from django import forms

DO = ("move", "count", "open", "undo", "look", "load")


class Scanned(forms.Form):
    """A scan with a token of its own. `ago`: seconds since it was scanned, however the phone's clock goes.

    `again`: out of turn, as it comes after newer scans, or before an older one of the same thing.
    """

    token = forms.UUIDField()
    do = forms.ChoiceField(choices=[(do, do) for do in DO])
    code = forms.CharField(max_length=300, required=False)
    to = forms.CharField(max_length=300, required=False)
    act = forms.UUIDField(required=False)
    trip = forms.UUIDField(required=False)
    sure = forms.CharField(max_length=60, required=False)
    ago = forms.IntegerField(min_value=0, max_value=30 * 24 * 3600, required=False)
    again = forms.BooleanField(required=False)
