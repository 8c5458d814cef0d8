/* Saves the sheet of a service record as it is filled in. Without it the sheet is one form with one press to save.
   What cannot be sent stays on the page, and is sent again when the network is back. */
(function () {
  "use strict";
  var sheet = document.getElementById("sheet"), told = document.getElementById("saved-as-you-go");
  if (!sheet || !told || !window.fetch) { return; }
  var waiting = 0, sending = false, again = false, unsaved = false, held = false, pressed = null;

  function tell(word) { told.textContent = told.getAttribute("data-" + word); }

  function put(name, value) {
    var field = sheet.elements[name];
    if (field && "value" in field) { field.value = value; }
  }

  /* What this page has saved is not what somebody else changed since. */
  function note(answer) {
    Object.keys(answer.parts).forEach(function (part) {
      put(part + ".seen", answer.parts[part][0]);
      put(part + ".shown", answer.parts[part][1]);
    });
  }

  function take(answer) {
    Object.keys(answer.parts).forEach(function (part) {
      var tick = sheet.elements[part + ".done"];
      if (tick && answer.states[part]) { tick.checked = answer.states[part][0] === "done"; }
    });
    Object.keys(answer.states).forEach(function (key) {
      var line = document.getElementById("step-" + key), state = line && line.querySelector(".state");
      if (!state) { return; }
      state.className = "state state-" + answer.states[key][0];
      state.textContent = answer.states[key][1];
      line.querySelector(".step-text > .fault").textContent = answer.states[key][2];
    });
    told.textContent = answer.problems.map(function (one) { return one[1]; }).join(" ");
    unsaved = answer.problems.length > 0;
    if (!unsaved) { tell("saved"); }
  }

  function send() {
    if (sending) { again = true; return; }
    sending = true;
    again = false;
    fetch(sheet.action, { method: "POST", body: new FormData(sheet), headers: { "X-As-You-Go": "1" }, redirect: "error" })
      .then(function (answer) {
        if (!answer.ok) { throw new Error(String(answer.status)); }
        return answer.json();
      })
      .then(function (answer) {
        note(answer);
        /* Newer ticks than these stand on the page, and go with the next one. */
        if (!again && !held) { take(answer); }
      })
      .catch(function (error) {
        tell("kept");
        /* The server did not answer: ask again, as nothing else may say that it is back. */
        if (error instanceof TypeError && unsaved) { window.clearTimeout(waiting); waiting = window.setTimeout(send, 15000); }
      })
      .then(function () {
        sending = false;
        if (held) { held = false; sheet.requestSubmit(pressed || undefined); } else if (again) { send(); }
      });
  }

  sheet.addEventListener("change", function () {
    unsaved = true;
    window.clearTimeout(waiting);
    waiting = window.setTimeout(send, 400);
  });
  sheet.addEventListener("submit", function (event) {
    if (event.defaultPrevented) { return; }
    window.clearTimeout(waiting);
    again = false;
    if (sending && sheet.requestSubmit) {
      /* A press right after typing: it goes when what is being saved has arrived, or it would meet its own change. */
      event.preventDefault();
      held = true;
      pressed = event.submitter;
      return;
    }
    unsaved = false;
  });
  window.addEventListener("online", function () { if (unsaved) { send(); } });
  window.addEventListener("beforeunload", function (event) { if (unsaved) { event.preventDefault(); } });
})();
