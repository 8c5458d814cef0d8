/* Keeps a form on its page while it cannot be sent, so that nothing that was typed is lost: the device has no network,
   or the server does not answer. Without this a form is sent as ever. */
(function () {
  "use strict";
  var told = document.getElementById("lost");
  if (!told) { return; }
  var own = document.currentScript ? document.currentScript.src : "", asking = false, goes = false;

  function tell(word) {
    told.textContent = told.getAttribute("data-" + word);
    told.hidden = false;
    told.scrollIntoView({ block: "center" });
  }

  /* Ask for this very file, from the server and not from what the browser kept. */
  function reach() {
    var stop = window.AbortController ? new AbortController() : null;
    var late = window.setTimeout(function () { if (stop) { stop.abort(); } }, 8000);
    return fetch(own, { method: "HEAD", cache: "no-store", signal: stop ? stop.signal : undefined })
      .then(function (answer) { window.clearTimeout(late); if (answer.status >= 502) { throw new Error("away"); } });
  }

  document.querySelectorAll('main form[method="post"]').forEach(function (form) {
    form.addEventListener("submit", function (event) {
      if (goes) { goes = false; return; }
      if (!navigator.onLine) { event.preventDefault(); tell("lost"); return; }
      if (!own || !window.fetch || !form.requestSubmit) { return; }
      event.preventDefault();
      if (asking) { return; }
      asking = true;
      var pressed = event.submitter;
      reach().then(function () {
        asking = false;
        told.hidden = true;
        goes = true;
        form.requestSubmit(pressed && pressed.form === form ? pressed : undefined);
      }, function () { asking = false; tell(navigator.onLine ? "away" : "lost"); });
    });
  });
  window.addEventListener("online", function () { told.hidden = true; });
})();
