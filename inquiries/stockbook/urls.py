"""Addresses of this room."""

from django.urls import path

from inquiries.stockbook import views

urlpatterns = [
    path("stock-book/", views.stock_book, name="stock-book"),
    path("stock-book.csv", views.stock_book_csv, name="stock-book-csv"),
]
