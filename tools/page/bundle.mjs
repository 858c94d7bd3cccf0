// Bundles the page: node bundle.mjs PACKAGES OUT, with PACKAGES the folder that holds node_modules. OUT ending in .cpp
// becomes a source for the program, anything else the template itself (to develop the page).
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const [packages, out] = process.argv.slice(2);
const esbuild = createRequire(join(packages, 'package.json'))('esbuild');

const bundled = await esbuild.build({
  entryPoints: [join(here, 'src/main.js'), join(here, 'src/page.css')],
  outdir: 'unused',
  absWorkingDir: packages,
  nodePaths: [join(packages, 'node_modules')],
  bundle: true,
  minify: true,
  format: 'iife',
  target: ['es2020'],
  charset: 'ascii',
  legalComments: 'inline',
  write: false,
  logLevel: 'warning',
});
const ending = (name) => bundled.outputFiles.find((file) => file.path.endsWith(name)).text;
const escaped = (text) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
// A function as the replacement: in a string, "$&" and the like would be read as patterns.
const put = (page, place, text) => {
  if (page.split(place).length !== 2) throw new Error(`page.html must hold ${place} once`);
  return page.replace(place, () => text);
};

let page = readFileSync(join(here, 'src/page.html'), 'utf8');
page = put(page, '/*flitchwise-style*/', ending('.css'));
page = put(page, '<!--flitchwise-licences-->',
  escaped(`three.js\n\n${readFileSync(join(packages, 'node_modules/three/LICENSE'), 'utf8')}`));
page = put(page, '/*flitchwise-program*/', ending('.js').replaceAll('</script', '<\\/script'));

// A string literal a part: compilers bound their length.
function asSource(text) {
  const bytes = Buffer.from(text, 'utf8');
  const parts = [];
  const most = 16000;
  for (let start = 0; start < bytes.length; start += most) {
    let part = '';
    for (const byte of bytes.subarray(start, start + most)) {
      const plain = byte >= 32 && byte < 127 && byte !== 34 && byte !== 92 && byte !== 63;
      part += plain ? String.fromCharCode(byte) : `\\${byte.toString(8).padStart(3, '0')}`;
    }
    parts.push(`    "${part}",\n`);
  }
  return `// Made by tools/page/bundle.mjs.
#include "tools/page/page_template.hpp"

namespace flitchwise::report {

std::vector<std::string_view> page_template() {
  return {
${parts.join('')}  };
}

}  // namespace flitchwise::report
`;
}
writeFileSync(out, out.endsWith('.cpp') ? asSource(page) : page);
