"""The cost of orders, the day book, and what it gives away as files."""

from django.urls import URLPattern, path

from shop.views import charges, costs, day_book, period_costs

urlpatterns: list[URLPattern] = [
    path("orders/<int:number>/cost/", costs.cost, name="cost"),
    path("orders/<int:number>/outwork/", charges.outwork_new, name="outwork-new"),
    path("orders/<int:number>/materials/", charges.issue_new, name="issue-new"),
    path("outwork/<int:pk>/take-back/", charges.outwork_take_back, name="outwork-take-back"),
    path("materials/<int:pk>/take-back/", charges.issue_take_back, name="issue-take-back"),
    path("tasks/<int:pk>/facts/", costs.task_facts, name="task-facts"),
    path("costs/", period_costs.costs, name="costs"),
    path("costs/overhead/new/", period_costs.overhead_new, name="overhead-new"),
    path("costs/overhead/<int:pk>/take-back/", period_costs.overhead_take_back, name="overhead-take-back"),
    path("costs/work-in-progress/", period_costs.in_progress, name="work-in-progress"),
    path("costs/work-in-progress/file.csv", period_costs.in_progress_csv, name="work-in-progress-csv"),
    path("day-book/", day_book.day_book, name="day-book"),
    path("day-book/file.csv", day_book.day_book_csv, name="day-book-csv"),
    path("day-book/<int:pk>/put-right/", day_book.put_right, name="put-right"),
    path("day-book/<int:pk>/undo/", day_book.undo, name="day-book-undo"),
]
