"""Addresses of this room."""

from django.urls import path

from inquiries.desk import (
    hold_views,
    inquiry_views,
    month_views,
    people_views,
    sale_views,
    sending_views,
    today_views,
    turn_views,
    want_views,
)
from inquiries.papers import views as paper_views

urlpatterns = [
    path("", today_views.today, name="today"),
    path("work/<int:job>/again/", today_views.work_again, name="work-again"),
    path("inquiries/", inquiry_views.inquiries, name="inquiries"),
    path("inquiries/new/", inquiry_views.inquiry_new, name="inquiry-new"),
    path("inquiries/<int:inquiry>/", inquiry_views.inquiry, name="inquiry"),
    path("inquiries/<int:inquiry>/answer/", inquiry_views.inquiry_answer, name="inquiry-answer"),
    path("inquiries/<int:inquiry>/note/", inquiry_views.inquiry_note, name="inquiry-note"),
    path("inquiries/<int:inquiry>/lay-aside/", inquiry_views.inquiry_lay_aside, name="inquiry-lay-aside"),
    path("inquiries/<int:inquiry>/take-up/", turn_views.inquiry_take_up, name="inquiry-take-up"),
    path("inquiries/<int:inquiry>/follow-up/", turn_views.inquiry_follow_up, name="inquiry-follow-up"),
    path(
        "inquiries/<int:inquiry>/follow-up/clear/", turn_views.inquiry_followed_up, name="inquiry-followed-up"
    ),
    path("messages/<int:message>/no-answer/", turn_views.message_no_answer, name="message-no-answer"),
    path("messages/<int:message>/an-answer/", turn_views.message_an_answer, name="message-an-answer"),
    path("inquiries/<int:inquiry>/hold/", hold_views.inquiry_hold, name="inquiry-hold"),
    path("messages/<int:message>/again/", sending_views.message_again, name="message-again"),
    path("messages/<int:message>/leave/", sending_views.message_leave, name="message-leave"),
    path("people/<int:contact>/", people_views.contact, name="contact"),
    path("wants/", want_views.wants, name="wants"),
    path("wants/<int:want>/done/", want_views.want_done, name="want-done"),
    path("stock/<int:stock>/hold/", hold_views.hold, name="hold"),
    path("holds/<int:hold>/release/", hold_views.hold_release, name="hold-release"),
    path("holds/<int:hold>/deposit/", sale_views.deposit, name="deposit"),
    path("sales/", sale_views.sales, name="sales"),
    path("sales/<str:sale>/", sale_views.sale, name="sale"),
    path("sales/<str:sale>/payment/", sale_views.sale_payment, name="sale-payment"),
    path("sales/<str:sale>/cleared/", sale_views.sale_cleared, name="sale-cleared"),
    path("sales/<str:sale>/parcel/", sale_views.sale_parcel, name="sale-parcel"),
    path("sales/<str:sale>/delivered/", sale_views.sale_delivered, name="sale-delivered"),
    path("sales/<str:sale>/close/", sale_views.sale_close, name="sale-close"),
    path("sales/<str:sale>/refund/", sale_views.sale_refund, name="sale-refund"),
    path("sales/<str:sale>/reverse/", sale_views.sale_reverse, name="sale-reverse"),
    path("sales/<str:sale>/end/", sale_views.sale_end, name="sale-end"),
    path("sales/<str:sale>/consignor/", sale_views.sale_consignor, name="sale-consignor"),
    path("receipts/<str:receipt>.pdf", paper_views.receipt, name="receipt"),
    path("month/", month_views.month, name="month"),
    path("month/<str:month>/", month_views.month, name="month-of"),
    path("month/<str:month>.csv", month_views.month_csv, name="month-csv"),
]
