"""Forms for log-in and for the staff."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm, BaseUserCreationForm, UsernameField

from shop.staff.models import User


class LogInForm(AuthenticationForm):
    """Name and password."""

    username = UsernameField(label="Log-in name", widget=forms.TextInput(attrs={"autofocus": True}))

    error_messages = {
        "invalid_login": "This name and password do not belong together. Try again.",
        "inactive": "This log-in has been closed.",
    }


class NewMemberForm(BaseUserCreationForm):
    """A new member of staff."""

    class Meta:
        model = User
        fields = ["username", "first_name", "last_name", "email", "role"]
        labels = {"username": "Log-in name", "email": "E-mail"}


class MemberForm(forms.ModelForm):
    """A member of staff as they are now."""

    class Meta:
        model = User
        fields = ["first_name", "last_name", "email", "role", "is_active"]
        labels = {"email": "E-mail", "is_active": "May log in"}
        help_texts = {
            "is_active": "Take the tick away when somebody leaves. Their name stays in the history."
        }
