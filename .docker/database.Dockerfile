# The database server with what seals its log: the same PostgreSQL, the same user.
ARG POSTGRES_IMAGE=postgres:17
FROM ${POSTGRES_IMAGE}
RUN apt-get update \
    && apt-get install -y --no-install-recommends age \
    && rm -rf /var/lib/apt/lists/* \
    && install -d -o postgres -g postgres -m 700 /srv/archive
COPY .docker/recovery /opt/recovery
