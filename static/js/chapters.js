// A chapter plays from its place in the player above it. Without this module its address opens the recording there.
for (const link of document.querySelectorAll(".chapters a")) {
  const player = link.closest(".recording").querySelector("audio, video");
  link.addEventListener("click", (event) => {
    if (event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    const begin = () => { player.currentTime = Number(link.dataset.at); };
    if (player.readyState) begin();
    else player.addEventListener("loadedmetadata", begin, { once: true });
    player.play();
  });
}
