// The pages beside the board: the one over all workshops draws itself anew when the host says that something has changed, and
// the one on accounts sends its forms.
(function () {
  "use strict";
  var say = matchmark.words("school");
  function byId(id) { return document.getElementById(id); }

  // ---- All workshops

  var busy = false, stale = false;

  // draw takes what stands in the page as the host makes it now.
  async function draw() {
    stale = true;
    if (busy) return;
    busy = true;
    while (stale) {
      stale = false;
      try {
        var reply = await fetch(location.pathname, { cache: "no-store", headers: { Accept: "text/html" } });
        var fresh = new DOMParser().parseFromString(await reply.text(), "text/html").getElementById("ui_all");
        if (reply.status === 401 || reply.status === 403) location.reload(); // the page says why
        if (!fresh) throw new Error("the host answers " + reply.status);
        if (byId("ui_all").innerHTML !== fresh.innerHTML) byId("ui_all").replaceWith(document.importNode(fresh, true));
        reach(true);
      } catch (unreached) {
        reach(false);
      }
    }
    busy = false;
  }
  function reach(there) {
    byId("ui_reach").textContent = there ? say("live") : say("unreached");
    document.body.classList.toggle("unreached", !there);
  }

  if (byId("ui_all")) {
    var stream = new EventSource("/board/all/events");
    stream.addEventListener("message", draw);
    stream.addEventListener("error", draw);
    setInterval(draw, 15000); // waiting times grow, and a network that is gone says nothing
  }

  // ---- Accounts

  async function send(form, more) {
    var what = Object.assign(Object.fromEntries(new FormData(form)), more);
    if (form.dataset.number) what.number = Number(form.dataset.number);
    byId("ui_problem").textContent = "";
    try {
      var reply = await fetch("/board/" + form.dataset.to, { method: "POST", cache: "no-store", headers: { "Content-Type": "application/json" }, body: JSON.stringify(what) });
      if (reply.ok) {
        location.reload();
        return;
      }
      var why = await reply.json();
      byId("ui_problem").textContent = [why.problem, why.do].filter(Boolean).join(" ");
    } catch (unreached) {
      byId("ui_problem").textContent = say("unreached");
    }
    byId("ui_problem").scrollIntoView({ block: "center" });
  }

  document.querySelectorAll("form[data-to]").forEach(function (form) {
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      send(form, {});
    });
  });
  document.querySelectorAll("button.remove").forEach(function (button) {
    button.addEventListener("click", function () {
      if (button.dataset.asked) {
        send(button.closest("form"), { remove: true });
        return;
      }
      button.dataset.asked = "yes"; // the second tap does it
      button.textContent = button.dataset.sure;
    });
  });
})();
