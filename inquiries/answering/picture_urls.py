"""The pictures behind a private link, at one address for all languages."""

from django.urls import path

from inquiries.answering import views

urlpatterns = [
    path("pictures-for-you/<str:token>/<int:number>.jpg", views.picture_for_you, name="picture-for-you")
]
