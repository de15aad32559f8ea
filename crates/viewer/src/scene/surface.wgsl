// What surfaces of the scene look like: plain paint, a painted hull, timber, the yard's ground.
// One shader for all of them, so that few pipelines have to be built before the first picture.

#import bevy_pbr::{
    forward_io::{VertexOutput, FragmentOutput},
    pbr_fragment::pbr_input_from_standard_material,
    pbr_functions::{alpha_discard, apply_pbr_lighting, main_pass_post_lighting_processing},
}

struct Surface {
    // Points p with dot(p, xyz) > w are cut away; all zero cuts nothing.
    cut: vec4<f32>,
    // Hull: bottom paint. Ground: joints.
    second: vec4<f32>,
    // Hull: deck. Ground: what it fades into.
    third: vec4<f32>,
    // Ground: middle and half extent of what stands on it.
    footprint: vec4<f32>,
    sky_light: vec4<f32>,
    ground_light: vec4<f32>,
    // Kind; hull: height of the painted line; timber: a number that makes each piece its own.
    numbers: vec4<f32>,
}

@group(#{MATERIAL_BIND_GROUP}) @binding(100) var<uniform> surface: Surface;

const HULL: f32 = 1.0;
const TIMBER: f32 = 2.0;
const GROUND: f32 = 3.0;
const TAU: f32 = 6.2831853;
// A weak light from behind and to starboard, so that a shaded bow and stern are both to be read. Here rather than as
// a light of Bevy's, because WebGL2 has room for one of those.
const FILL_FROM: vec3<f32> = vec3<f32>(-0.831, -0.440, 0.342);
const FILL: vec3<f32> = vec3<f32>(0.121, 0.128, 0.134);

fn hash(p: vec2<f32>) -> f32 {
    let q = fract(p * vec2<f32>(0.1031, 0.1130));
    let r = q + dot(q, q.yx + 33.33);
    return fract((r.x + r.y) * r.x);
}

fn noise(p: vec2<f32>) -> f32 {
    let cell = floor(p);
    let f = fract(p);
    let s = f * f * (3.0 - 2.0 * f);
    let low = mix(hash(cell), hash(cell + vec2<f32>(1.0, 0.0)), s.x);
    let high = mix(hash(cell + vec2<f32>(0.0, 1.0)), hash(cell + vec2<f32>(1.0, 1.0)), s.x);
    return mix(low, high, s.y);
}

// How much of a pattern with this many cycles to the metre survives where a pixel covers `size`.
fn visible(size: f32, cycles: f32) -> f32 {
    return 1.0 - smoothstep(0.25, 0.75, size * cycles);
}

fn timber(at: vec2<f32>, side: f32, seed: f32) -> f32 {
    let size = fwidth(at);
    let streaks = noise(vec2<f32>(at.x * 1.7 + seed * 7.3, at.y * 34.0 + seed * 3.1)) - 0.5;
    let fibres = noise(vec2<f32>(at.x * 9.0 + seed, at.y * 190.0)) - 0.5;
    let along = 0.34 * streaks * visible(size.y, 34.0) + 0.18 * fibres * visible(size.y, 190.0);
    let pith = vec2<f32>(0.031 * sin(seed * 5.0), 0.05 + 0.02 * cos(seed * 3.0));
    let radius = length(at + pith) + 0.004 * noise(at * 30.0 + seed);
    let rings = 0.16 * sin(radius * TAU * 85.0) * visible(max(size.x, size.y), 85.0);
    return 1.0 + mix(rings, along, side);
}

fn joint(at: f32, every: f32, half_width: f32, size: f32) -> f32 {
    let away = abs(fract(at / every - 0.5) - 0.5) * every;
    let wide = max(half_width, size * 0.75);
    return (1.0 - smoothstep(wide * 0.5, wide, away)) * clamp(half_width / wide, 0.0, 1.0);
}

fn concrete(base: vec3<f32>, at: vec2<f32>) -> vec3<f32> {
    let size = fwidth(at);
    let pixel = max(size.x, size.y);
    let mottle = (noise(at * 0.55) - 0.5) * 0.07
        + (noise(at * 2.3) - 0.5) * 0.05 * visible(pixel, 2.3)
        + (noise(at * 41.0) - 0.5) * 0.06 * visible(pixel, 41.0);
    let slabs = max(joint(at.x, 5.0, 0.020, size.x), joint(at.y, 5.0, 0.020, size.y));
    let metres = max(joint(at.x, 1.0, 0.006, size.x), joint(at.y, 1.0, 0.006, size.y));
    let lines = max(slabs * 0.9, metres * 0.55);
    return mix(base * (1.0 + mottle), surface.second.rgb, lines);
}

// Darkening under what stands on the ground, where little of the sky is seen.
fn shade(at: vec2<f32>) -> f32 {
    let away = max(abs(at - surface.footprint.xy) - surface.footprint.zw, vec2<f32>(0.0));
    return 1.0 - 0.38 * exp(-1.8 * length(away));
}

@fragment
fn fragment(in: VertexOutput, @builtin(front_facing) is_front: bool) -> FragmentOutput {
    var input = pbr_input_from_standard_material(in, is_front);
    let kind = surface.numbers.x;
    var open_sky = 1.0;
    if kind == HULL {
        let line = in.uv.y - surface.numbers.y;
        let soft = max(fwidth(in.uv.y), 0.0005);
        let above = smoothstep(-soft, soft, line);
        let stripe = smoothstep(-soft, soft, line - 0.035) - smoothstep(-soft, soft, line - 0.085);
        let deck = smoothstep(0.55, 0.75, normalize(in.world_normal).z) * above;
        var paint = mix(surface.second.rgb, input.material.base_color.rgb, above);
        paint = mix(paint, surface.second.rgb, stripe * above * surface.numbers.z);
        paint = mix(paint, surface.third.rgb, deck);
        if !is_front {
            // The inside of the shell, seen where it is cut.
            paint = vec3<f32>(0.62, 0.58, 0.52);
        }
        input.material.base_color = vec4<f32>(paint, input.material.base_color.a);
    } else if kind == TIMBER {
        let grain = timber(in.uv, in.color.a, surface.numbers.y);
        input.material.base_color = vec4<f32>(input.material.base_color.rgb * grain, 1.0);
    } else if kind == GROUND {
        let base = concrete(input.material.base_color.rgb, in.world_position.xy);
        input.material.base_color = vec4<f32>(base, 1.0);
        open_sky = shade(in.world_position.xy);
    }
    input.material.base_color = alpha_discard(input.material, input.material.base_color);

    var out: FragmentOutput;
    var lit = apply_pbr_lighting(input);
    let up = input.N.z * 0.5 + 0.5;
    let fill = FILL * max(dot(input.N, FILL_FROM), 0.0);
    let around = (mix(surface.ground_light.rgb, surface.sky_light.rgb, up) + fill) * open_sky;
    lit = vec4<f32>(lit.rgb + input.material.base_color.rgb * around, lit.a);
    if kind == GROUND {
        let away = length(in.world_position.xy - surface.footprint.xy) - surface.footprint.z;
        let far = smoothstep(3.0, 46.0, away);
        lit = vec4<f32>(mix(lit.rgb, surface.third.rgb, far), 1.0);
    }
    out.color = main_pass_post_lighting_processing(input, lit);
    if dot(in.world_position.xyz, surface.cut.xyz) > surface.cut.w {
        discard;
    }
    return out;
}
