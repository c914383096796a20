// A code out of a mail stands behind the #, which browsers send to nobody: put it into
// the form, take it off the address, and send the form.
"use strict";

const code = location.hash.slice(1);
const form = document.querySelector("form.code");
if (form && code) {
  history.replaceState(null, "", location.pathname);
  form.elements.code.value = code;
  form.requestSubmit();
}
