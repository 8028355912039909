// Draws a code to scan, from what the host sends of it: on the board and on tablets.
(function () {
  "use strict";
  // picture draws a code to scan. Source: ISO/IEC 18004.
  matchmark.picture = function (invitation) {
    var name = "http://www.w3.org/2000/svg", svg = document.createElementNS(name, "svg"), ground = document.createElementNS(name, "rect"), path = document.createElementNS(name, "path");
    svg.setAttribute("viewBox", "0 0 " + invitation.side + " " + invitation.side);
    svg.setAttribute("class", "class-picture");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", invitation.link);
    ground.setAttribute("width", invitation.side);
    ground.setAttribute("height", invitation.side);
    ground.setAttribute("fill", "#fff");
    path.setAttribute("d", invitation.path);
    svg.append(ground, path);
    return svg;
  };
})();
