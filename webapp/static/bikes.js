/* My bikes on this device: links that were opened here, kept in this browser alone. Sharing and copying where the browser
   can. Without this file the pages work as they are, only without these. */
(function () {
  "use strict";
  var KEY = "setup-card:bikes", MOST = 20;

  function read() {
    try {
      var held = JSON.parse(window.localStorage.getItem(KEY) || "[]");
      return Array.isArray(held) ? held.filter(function (one) {
        return one && /^[0-9A-Z]{26}$/.test(one.code) && typeof one.title === "string";
      }).slice(0, MOST) : [];
    } catch (error) { return []; }
  }

  function keep(bikes) {
    try {
      if (bikes.length) { window.localStorage.setItem(KEY, JSON.stringify(bikes)); }
      else { window.localStorage.removeItem(KEY); }
      return true;
    } catch (error) { return false; }
  }

  function without(code) { return read().filter(function (one) { return one.code !== code; }); }

  var here = document.getElementById("this-bike");
  if (here) {
    var code = here.dataset.code;
    here.hidden = !keep([{ code: code, title: here.dataset.title.slice(0, 80) }].concat(without(code)).slice(0, MOST));
  }

  var gone = document.getElementById("gone-bike");
  if (gone) {
    var left = without(gone.dataset.code);
    gone.hidden = left.length === read().length || !keep(left);
  }

  var list = document.getElementById("my-bikes");
  function draw() {
    var bikes = read(), rows = list.querySelector("ul"), path = list.dataset.path;
    list.hidden = !bikes.length;
    rows.textContent = "";
    bikes.forEach(function (one) {
      var row = document.createElement("li"), link = document.createElement("a"), away = document.createElement("button");
      link.href = path.replace("CODE", one.code);
      link.textContent = one.title;
      away.type = "button";
      away.className = "button quiet";
      away.textContent = list.dataset.remove;
      away.setAttribute("aria-label", list.dataset.remove + ": " + one.title);
      away.addEventListener("click", function () { keep(without(one.code)); draw(); list.focus(); });
      row.append(link, away);
      rows.append(row);
    });
  }
  if (list) {
    draw();
    document.getElementById("clear-bikes").addEventListener("click", function () { keep([]); draw(); });
  }

  var share = document.getElementById("share");
  if (share) {
    var send = document.getElementById("share-link"), copy = document.getElementById("copy-link");
    var told = document.getElementById("copied"), link = share.dataset.link;
    if (navigator.share) {
      send.hidden = share.hidden = false;
      send.addEventListener("click", function () {
        navigator.share({ title: share.dataset.title, url: link }).catch(function () {});
      });
    }
    if (navigator.clipboard) {
      copy.hidden = share.hidden = false;
      copies(copy, link, told, share.dataset.copied);
    }
  }

  function copies(button, text, told, words) {
    button.addEventListener("click", function () {
      navigator.clipboard.writeText(text).then(function () { told.textContent = words; }, function () {});
    });
  }

  var owner = document.querySelector("[data-copy]");
  if (owner && navigator.clipboard) {
    owner.hidden = false;
    copies(owner.querySelector("button"), owner.dataset.copy, owner.querySelector("[role=status]"), owner.dataset.copied);
  }
})();
