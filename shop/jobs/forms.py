"""The form that signs a person in."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """In the shop's words: a person has a sign-in."""

    username = forms.CharField(
        label="Your sign-in",
        widget=forms.TextInput({"autofocus": True, "autocapitalize": "none", "autocomplete": "username"}),
    )

    error_messages = {
        "invalid_login": "No person has this sign-in with this password. Capital and small letters count.",
        "inactive": "This sign-in was closed. Ask the office.",
    }
