"""The pages at /admin/: the register's for the office, the server's for its keeper."""

from django.contrib import admin

from fleet.register import entering
from fleet.register.admin import changes, register, server

__all__ = ["changes", "register", "server"]

admin.site.site_header = admin.site.site_title = "Ropeseat"
admin.site.index_title = "Office"
# Passwords are tried in one place, where tries are counted.
admin.site.login = entering.admins_login  # type: ignore[method-assign]
