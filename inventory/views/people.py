"""Signing in and out."""

from django.contrib.auth import views as auth
from django.views.decorators.http import require_POST

from inventory.roles import Right
from inventory.views.frame import needs

sign_in = auth.LoginView.as_view(
    template_name="inventory/people/sign-in.html", redirect_authenticated_user=True
)
sign_out = needs(Right.SEE)(require_POST(auth.LogoutView.as_view()))
