//! The green under the plots: edge, holes, zones.

use maud::{Markup, html};

use crate::area::Outline;
use crate::drawing::palette::{self, GREY, INK, SITE};
use crate::drawing::plane::Plane;

/// The green with its zones and holes; `page` keeps names apart where several maps share a page.
pub(super) fn ground(outline: &Outline, plane: &Plane, page: &str) -> Markup {
    let edge = plane.ring(outline.ground.exterior());
    html! {
        clipPath id={ (page) "-green" } { path d=(edge) {} }
        path d=(edge) fill=(SITE) {}
        g clip-path={ "url(#" (page) "-green)" } {
            // Zones stay apart in grey print by their edges; each carries its name.
            @for (i, zone) in outline.zones.iter().enumerate() {
                path d=(plane.ring(zone.ground.exterior())) fill=(palette::ground(i))
                    stroke=(INK) stroke-width="0.3" stroke-dasharray="2 1" {
                    title { "Zone " (zone.name) }
                }
            }
        }
        path d=(edge) fill="none" stroke=(INK) stroke-width="0.6" stroke-linejoin="round" {
            title { "Edge of the green" }
        }
        @for hole in outline.ground.interiors() {
            path d=(plane.ring(hole)) fill=(GREY) fill-opacity="0.5" stroke=(INK) stroke-width="0.4" {
                title { "No plot may lie here" }
            }
        }
    }
}
