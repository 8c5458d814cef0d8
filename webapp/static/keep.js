/* Keeps a form on its page while the device has no network, so that nothing that was typed is lost. Without it a form
   is sent as ever. */
(function () {
  "use strict";
  var told = document.getElementById("lost");
  if (!told) { return; }

  document.querySelectorAll('main form[method="post"]').forEach(function (form) {
    form.addEventListener("submit", function (event) {
      if (navigator.onLine) { return; }
      event.preventDefault();
      told.textContent = told.getAttribute("data-lost");
      told.hidden = false;
      told.scrollIntoView({ block: "center" });
    });
  });
  window.addEventListener("online", function () { told.hidden = true; });
})();
