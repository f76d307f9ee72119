// Links to the other files of the folder. The page may have been sent alone, so it looks whether
// they are there, but not before this part is opened.
const filesPart = document.getElementById("files");
let looked = false;

function address(path) {
  return `./${path.split("/").map(encodeURIComponent).join("/")}`;
}

function say(there) {
  document.getElementById("files-words").textContent = there
    ? "They stand in the same folder as this page."
    : "They are not beside this page: it has been sent alone. The links lead nowhere; ask for the whole folder.";
  filesPart.classList.toggle("missing", !there);
}

function look() {
  if (looked || !data.files.length) return;
  looked = true;
  const picture = data.files.find((file) => file.path.endsWith(".svg")) || data.files[0];
  if (window.location.protocol.startsWith("http")) {
    fetch(address(picture.path), { method: "HEAD" }).then((answer) => say(answer.ok), () => say(false));
    return;
  }
  // a page opened from a folder may not read beside it, but a picture tells whether it was found
  const tried = new Image();
  tried.onload = () => say(true);
  tried.onerror = () => say(false);
  tried.src = address(picture.path);
}

// by folder, each folded when there are many; T2 before T10
const MANY_FILES = 12;
const inOrder = new Intl.Collator("en", { numeric: true });

function folderOf(path) {
  return path.slice(0, path.lastIndexOf("/") + 1);
}

function filesList(files) {
  const lines = files.map((file) =>
    element("li", {}, element("a", { href: address(file.path) }, file.path), element("span", {}, ` ${file.what}`)),
  );
  return element("ul", { class: "files" }, ...lines);
}

function filesParts() {
  const files = [...data.files].sort((one, other) => inOrder.compare(one.path, other.path));
  if (files.length <= MANY_FILES) return [filesList(files)];
  const folders = [...new Set(files.map((file) => folderOf(file.path)))].sort(inOrder.compare);
  return folders.map((folder) => {
    const mine = files.filter((file) => folderOf(file.path) === folder);
    if (!folder) return filesList(mine);
    return element("details", {}, element("summary", {}, `${folder} – ${mine.length} files`), filesList(mine));
  });
}

filesPart.append(...filesParts());
filesPart.addEventListener("toggle", () => {
  if (filesPart.open) look();
});
if (!data.files.length) document.getElementById("files-words").textContent = "There are none.";
