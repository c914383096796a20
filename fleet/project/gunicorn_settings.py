"""Settings of the web server: `gunicorn --config
python:fleet.project.gunicorn_settings`.

How many workers and which address stand on the command line.
"""

from fleet.project import server_errors

server_errors.install()

wsgi_app = "fleet.project.wsgi:application"
# A client that stops in the middle keeps a thread for a while, never a whole server.
worker_class = "fleet.project.threaded_worker.Worker"
threads = 8
# For a worker that gives no sign of life. One that waits for a slow client gives it: an
# upload that takes minutes is not ended.
timeout = 60
graceful_timeout = 30
# Leaks of a library, if there are any, end with the process; not all at once.
max_requests = 5000
max_requests_jitter = 500
# Nothing steers a running server but signals; the socket would need a home to lie in.
control_socket_disable = True

# A header is never a path, and only Django says which header of a proxy is believed:
# whoever calls from this machine may have handed on what anybody wrote.
forwarder_headers = ""
secure_scheme_headers: dict[str, str] = {}
accesslog = "-"
logger_class = "fleet.platform.watching.access_log.AccessLogger"
access_log_format = (
    "%(t)s %(client)s %(m)s %(U)s %(s)s %(B)s bytes %(M)s ms "
    "proxy=%(proxy)s person=%(person)s key=%(key)s request=%(request)s"
)
