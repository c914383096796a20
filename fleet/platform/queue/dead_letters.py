"""What becomes of a message that RabbitMQ handed out too often.

A job that kills its worker three times is FAILED in the job table, and then its
message is taken and forgotten. A message goes the rounds only if something is wrong
before the job is claimed; RabbitMQ then sets it aside, where it can be looked at.
"""

from kombu import Connection, Exchange, Queue

QUEUE = "celery.dead"
# RabbitMQ 4 has this limit of itself, older ones have none.
MOST_DELIVERIES = 20


def work_queue(*, name: str = "celery") -> Queue:
    """Return the queue of the workers: replicated, and with somewhere to send the dead.

    Its arguments cannot be changed once it is there; see docs/operations.md.
    """
    return Queue(
        name,
        Exchange(name, type="direct"),
        routing_key=name,
        queue_arguments={
            "x-queue-type": "quorum",
            "x-delivery-limit": MOST_DELIVERIES,
            "x-dead-letter-exchange": "",
            "x-dead-letter-routing-key": QUEUE,
        },
    )


def install(*, broker_url: str) -> None:
    """Make the queue where the dead are laid out; no worker listens there.

    Can be repeated. Raises what kombu raises when the broker is away.
    """
    with Connection(broker_url, connect_timeout=5) as connection:
        connection.ensure_connection(max_retries=1, timeout=5)
        Queue(
            QUEUE, routing_key=QUEUE, queue_arguments={"x-queue-type": "quorum"}
        ).bind(connection.default_channel).queue_declare()
