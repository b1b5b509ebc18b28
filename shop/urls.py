"""The root of all addresses: they are all in inventory/urls.py."""

from django.urls import include, path

urlpatterns = [path("", include("inventory.urls"))]
