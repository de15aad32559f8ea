// The page's own behaviour around the viewer: says what is going on while it loads, and says plainly when it cannot.
//
// <html data-keelstead> is the one state: loading, starting, ready (set by the viewer after its first report),
// unsupported, failed. A plain script, so that a browser too old for modules still gets a clear word.
(function () {
  "use strict";
  var root = document.documentElement;

  function say(id, text) {
    document.getElementById(id).textContent = text;
  }

  /** Covers the picture with a message. The text of the findings stays where it is. */
  function trouble(state, title, says, detail) {
    if (root.dataset.keelstead === "failed" || root.dataset.keelstead === "unsupported") return; // the first is the cause
    root.dataset.keelstead = state;
    say("trouble-title", title);
    say("trouble-says", says);
    say("trouble-detail", detail || "");
    document.getElementById("trouble").hidden = false;
    document.getElementById("trouble-reload").focus();
  }

  /** What this browser lacks, in a sentence; "" where it has all that is needed. */
  function lacking() {
    if (typeof WebAssembly !== "object") {
      return "This browser has no WebAssembly, which Keelstead computes with.";
    }
    var context = null;
    try {
      context = document.createElement("canvas").getContext("webgl2");
    } catch (error) {
      // No context is answer enough.
    }
    if (!context) {
      return "This browser offers no WebGL2, which Keelstead draws with. It may be switched off, or blocked for this graphics card.";
    }
    // Browsers keep only a few contexts alive: give this one back.
    var release = context.getExtension("WEBGL_lose_context");
    if (release) release.loseContext();
    return "";
  }

  function failed(error) {
    var detail = error && (error.message || String(error));
    trouble(
      "failed",
      root.dataset.keelstead === "ready" ? "Keelstead has stopped" : "Keelstead could not start",
      "Please load the page again. Do not act on figures that were on the screen when it stopped.",
      detail
    );
  }

  // For loader.mjs.
  window.keelsteadShell = { failed: failed, lacking: "" };

  // Until the viewer is ready, anything that goes wrong keeps it from starting: also a script that does not arrive,
  // whose error reaches only a capturing listener.
  window.addEventListener("error", function (event) {
    var state = root.dataset.keelstead;
    if (state !== "loading" && state !== "starting") return;
    var file = event.target && (event.target.src || event.target.href);
    if (event.target !== window && !/\.(m?js|wasm)$/.test(file || "")) return;
    failed(event.error || { message: file ? "Could not load " + file : event.message });
  }, true);
  window.addEventListener("unhandledrejection", function (event) {
    var state = root.dataset.keelstead;
    if (state === "loading" || state === "starting") failed(event.reason);
  });
  // The viewer's panic hook.
  window.addEventListener("keelstead:panic", function (event) {
    failed({ message: typeof event.detail === "string" ? event.detail : "" });
  });

  document.addEventListener("DOMContentLoaded", function () {
    document.getElementById("trouble-reload").addEventListener("click", function () {
      location.reload();
    });
    document.getElementById("keelstead-canvas").addEventListener("webglcontextlost", function (event) {
      // Phones take the graphics away from pages in the background. The viewer cannot get it back.
      event.preventDefault();
      failed({ message: "The system has taken the graphics back (WebGL context lost)." });
    });
    var lack = lacking();
    if (lack) {
      window.keelsteadShell.lacking = lack;
      trouble(
        "unsupported",
        "This browser cannot show Keelstead",
        lack + " A current Chrome, Edge, Firefox or Safari will do. The command line needs no graphics: keelstead check JOB."
      );
    }
    offline();
  });

  /** Keeps the page for use without a network, once it runs; offers a newer version instead of switching under a user. */
  function offline() {
    if (!("serviceWorker" in navigator)) return; // a plain http address other than localhost
    whenReady(function () {
      navigator.serviceWorker.register("./service-worker.js").then(function (registration) {
        if (registration.waiting) offer(registration.waiting);
        registration.addEventListener("updatefound", function () {
          var worker = registration.installing;
          worker.addEventListener("statechange", function () {
            if (worker.state === "installed" && navigator.serviceWorker.controller) offer(worker);
          });
        });
      }, function (error) {
        console.warn("The page will not work without a network:", error.message);
      });
    });
  }

  function whenReady(act) {
    var watch = new MutationObserver(function () {
      if (root.dataset.keelstead !== "ready") return;
      watch.disconnect();
      act();
    });
    watch.observe(root, { attributes: true, attributeFilter: ["data-keelstead"] });
  }

  function offer(worker) {
    var bar = document.getElementById("newer");
    document.getElementById("newer-take").onclick = function () {
      navigator.serviceWorker.addEventListener("controllerchange", function () {
        location.reload();
      });
      worker.postMessage("take over");
    };
    document.getElementById("newer-later").onclick = function () {
      bar.hidden = true;
    };
    bar.hidden = false;
  }
})();
