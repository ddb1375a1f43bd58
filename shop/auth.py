"""Who is signed in, read with their shop row: a tap asks for both, so they come in one query."""

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import User


class HandBackend(ModelBackend):
    """Django's own backend, for active users, with the hand joined."""

    def get_user(self, user_id: int) -> User | None:
        user = User.objects.select_related("shop_hand").filter(pk=user_id).first()
        return user if user is not None and self.user_can_authenticate(user) else None
