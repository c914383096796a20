// Keeps the page itself, so that it opens without signal; nothing else passes here.
const VERSION = "{{ version }}";
const SHELL = [{% for address in shell %}"{{ address|escapejs }}"{% if not forloop.last %}, {% endif %}{% endfor %}];
