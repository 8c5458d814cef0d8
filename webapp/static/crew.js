/* Keeps what the crew typed on the page while the network or the server is gone, sends it again with one press, and
   looks numbers up in the table that the server made. It works nothing out. Without it forms are sent as ever. */
(function () {
  "use strict";
  var crew = document.getElementById("crew");
  if (!crew || !window.fetch) { return; }
  var PATIENCE_MS = 8000, sending = false;

  function bar() {
    var found = document.getElementById("not-saved");
    if (found) { return found; }
    found = document.getElementById("crew-words").content.firstElementChild.cloneNode(true);
    var main = document.getElementById("main");
    main.insertBefore(found, main.firstChild);
    return found;
  }

  function unsaved(form, button) {
    var told = bar(), again = told.querySelector("button");
    told.hidden = false;
    again.onclick = function () { send(form, button); };
    var found = told.querySelector(".looked-up");
    found.replaceChildren();
    var weight = form.elements.rider_mass_kg, style = form.querySelector("[name=riding_style]:checked");
    document.querySelectorAll("details[data-bike-numbers]").forEach(function (one) { one.hidden = false; });
    if (weight && style) {
      tell(found, lookUp(document.querySelector("[data-bike-numbers]"), weight.value, style.value));
    }
    told.scrollIntoView({ block: "start" });
    again.focus();
  }

  function show(text) {
    var fresh = new DOMParser().parseFromString(text, "text/html"), main = document.getElementById("main");
    if (!fresh.getElementById("main")) { throw new Error("no page of ours"); }
    document.title = fresh.title;
    main.replaceWith(document.adoptNode(fresh.getElementById("main")));
    var first = document.querySelector("main [autofocus], main [role=alert]");
    if (first) { first.focus(); }
    window.scrollTo(0, 0);
    prepare();
  }

  function send(form, button) {
    if (sending) { return; }
    sending = true;
    var body = new URLSearchParams(new FormData(form)), stop = new AbortController();
    if (button && button.name) { body.append(button.name, button.value); }
    var patience = window.setTimeout(function () { stop.abort(); }, PATIENCE_MS);
    fetch(form.action, { method: "POST", body: body, headers: { "X-Stay": "1" }, signal: stop.signal, credentials: "same-origin" })
      .then(function (answer) {
        if (answer.status >= 500) { throw new Error(String(answer.status)); }
        var go = answer.headers.get("X-Go");
        if (go) { window.location.assign(go); return null; }
        if (answer.redirected) { window.location.assign(answer.url); return null; }
        return answer.text().then(show);
      })
      .catch(function () { unsaved(form, button); })
      .then(function () { window.clearTimeout(patience); sending = false; });
  }

  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (event.defaultPrevented || form.method !== "post" || form.enctype === "multipart/form-data" || !form.closest("main")) { return; }
    event.preventDefault();
    send(form, event.submitter);
  });

  /* Lines as [class, text, small text]: the bike, the weight and what is limited come first, then each number alone. */
  function tell(box, lines) {
    box.replaceChildren.apply(box, lines.map(function (one) {
      var line = document.createElement("p"), small = document.createElement("span");
      line.className = one[0];
      line.textContent = one[1] + (one[2] ? " " : "");
      small.textContent = one[2] || "";
      if (one[2]) { line.appendChild(small); }
      return line;
    }));
  }

  function word(name) { return [["", crew.getAttribute(name)]]; }

  /* Look-up only: the row whose weight is next to what was typed, and it says which. */
  function lookUp(place, text, style) {
    var kg = parseFloat(text.trim().replace(",", ".")), rows, best = null;
    if (!place || !place.querySelector("table")) { return place ? word("data-no-row") : []; }
    if (!/^\s*\d+([.,]\d+)?\s*(kg)?\s*$/i.test(text)) { return word("data-type-kg"); }
    rows = place.querySelectorAll('[data-style="' + style + '"] tr[data-kg]');
    rows.forEach(function (row) {
      var off = Math.abs(Number(row.getAttribute("data-kg")) - kg);
      if (!best || off < best.off) { best = { off: off, row: row }; }
    });
    if (!best || best.off > 5) { return word("data-no-row"); }
    return says(place, best.row, style);
  }

  function says(place, row, style) {
    var heads = place.querySelectorAll("table")[0].querySelectorAll("thead th"), limits = row.nextElementSibling;
    var named = document.querySelector('input[type=radio][value="' + style + '"] + label'), lines = [];
    lines.push(["whose", crew.getAttribute("data-looked-up").replace("BIKE", place.getAttribute("data-number"))
      .replace("KG", row.getAttribute("data-kg")).replace("STYLE", named ? named.textContent : style)]);
    if (limits && limits.className === "held") { lines.push(["limit", limits.textContent]); }
    row.querySelectorAll("td").forEach(function (cell, i) {
      var head = heads[i + 1];
      lines.push(["number", head.getAttribute("data-said").replace("NUMBER", cell.textContent), head.getAttribute("data-most")]);
    });
    lines.push(["stamp", crew.getAttribute("data-made").replace("MADE", place.getAttribute("data-made"))]);
    return lines;
  }

  function usualStyle(box, choice) {
    var usual = document.getElementById("look-" + choice.selectedOptions[0].getAttribute("data-style"));
    if (usual) { usual.checked = true; }
  }

  function prepare() {
    var box = document.getElementById("look-up");
    if (!box) { return; }
    box.hidden = false;
    var bike = /\/shop\/bikes\/(\d+)/.exec(window.location.pathname), choice = box.querySelector("select");
    var found = box.querySelector(".looked-up");
    if (bike && choice.querySelector('option[value="' + bike[1] + '"]')) { choice.value = bike[1]; usualStyle(box, choice); }
    choice.addEventListener("change", function () { usualStyle(box, choice); });
    // Numbers of one bike or rider never stay beside the choice of another.
    box.addEventListener("input", function () { found.replaceChildren(); });
    box.addEventListener("change", function () { found.replaceChildren(); });
    box.addEventListener("submit", function (event) {
      event.preventDefault();
      var place = document.getElementById("bike-" + choice.value), style = box.querySelector("[name=style]:checked");
      tell(found, place ? lookUp(place, box.elements.weight.value, style.value) : word("data-choose"));
      found.scrollIntoView({ block: "nearest" });
    });
    var page = document.getElementById("numbers");
    if (page && page.getAttribute("data-waiting") === "1") { awaitAll(fill, 600); }
  }

  /* Each question works one more bike out; the page itself is asked for once all are there. */
  function awaitAll(then, often) {
    var address = crew.getAttribute("data-numbers");
    fetch(address + "?wait=1", { credentials: "same-origin" }).then(function (answer) {
      if (!answer.ok || answer.redirected) { throw new Error("not now"); }
      return answer.json();
    }).then(function (told) {
      var shown = document.getElementById("numbers-ready");
      if (shown) { shown.max = told.all; shown.value = told.ready; shown.hidden = false; }
      if (told.ready < told.all) { throw new Error("not all"); }
      return fetch(address, { credentials: "same-origin" });
    }).then(function (answer) { return answer.text(); }).then(then)
      .catch(function () { if (often > 0) { window.setTimeout(awaitAll, 1000, then, often - 1); } });
  }

  function fill(text) {
    var fresh = new DOMParser().parseFromString(text, "text/html").getElementById("numbers");
    if (fresh) { document.getElementById("numbers").replaceWith(document.adoptNode(fresh)); }
  }

  /* Over https and on this machine a service worker keeps the numbers; a phone on plain http has none. */
  if (navigator.serviceWorker && window.isSecureContext) {
    navigator.serviceWorker.register(crew.getAttribute("data-worker"), { scope: crew.getAttribute("data-scope") })
      .then(function () { return navigator.serviceWorker.ready; })
      .then(function () {
        var last = Number(window.sessionStorage.getItem("numbers-kept") || 0);
        if (Date.now() - last < 600000 || document.getElementById("numbers")) { return; }
        window.sessionStorage.setItem("numbers-kept", String(Date.now()));
        window.setTimeout(awaitAll, 1500, function () { return null; }, 120);
      }).catch(function () { return null; });
  }
  prepare();
}());
