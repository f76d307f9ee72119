// What this browser keeps for this page; where it keeps nothing, the page works until it is closed and says so.
let storing = canStore();

function canStore() {
  try {
    const probe = "platemodel/probe";
    window.localStorage.setItem(probe, "1");
    window.localStorage.removeItem(probe);
    return true;
  } catch {
    return false;
  }
}

// the object kept under a name; an empty one where nothing is, or nothing that can be read
function kept(name) {
  try {
    const found = storing ? JSON.parse(window.localStorage.getItem(name) || "{}") : {};
    return found && typeof found === "object" && !Array.isArray(found) ? found : {};
  } catch {
    return {};
  }
}

function keep(name, value) {
  if (!storing) return;
  try {
    window.localStorage.setItem(name, JSON.stringify(value));
  } catch {
    storing = false;
  }
}
